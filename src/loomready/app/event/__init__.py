"""Pages for the work before an event: who helps when, the plan, what people were told."""
