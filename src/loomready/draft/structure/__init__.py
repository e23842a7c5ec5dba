"""What a draft is and does: analysis, floats, repeats, layers, findings."""
