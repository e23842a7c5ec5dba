"""The engine's texts on pages, and catalogs for translators."""
