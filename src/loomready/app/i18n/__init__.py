"""Words of the engine on pages, and catalogs for translators."""
