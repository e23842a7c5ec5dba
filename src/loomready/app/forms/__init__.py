"""Forms made from the guild file's schema, and reading what is typed in them."""
