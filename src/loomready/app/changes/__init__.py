"""Changes to records: their history, and how they contradict work already done."""
