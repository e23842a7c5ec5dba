"""Forms made from the guild file's schema, and what people type in them."""
