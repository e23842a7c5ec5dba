"""A mutation run: one small change in the engine at a time; do the tests notice it? See docs/mutants.md."""
