"""Changes to records: their history, and what a change contradicts of work done."""
