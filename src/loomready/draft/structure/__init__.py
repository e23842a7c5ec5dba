"""The structure of a draft: analysis, floats, repeats, layers, findings."""
