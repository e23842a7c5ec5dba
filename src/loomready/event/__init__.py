"""Ready for the day: people's hours, hours of work, who does what when."""
