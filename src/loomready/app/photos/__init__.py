"""Photographs of cloth, warps, yarns and looms: adding them, a page for each, captions."""
