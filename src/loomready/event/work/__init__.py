"""Who does what when, before an event."""
