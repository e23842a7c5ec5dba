"""The gallery of drafts, previews of drafts not saved yet, and saving them."""
