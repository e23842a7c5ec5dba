"""Pictures that pages show."""
