"""The steps of each job, from winding to weaving, and what to make ready for it."""
