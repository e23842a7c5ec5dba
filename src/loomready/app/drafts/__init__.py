"""The gallery of drafts, drafts not kept yet, and keeping them."""
