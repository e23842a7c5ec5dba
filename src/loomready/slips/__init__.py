"""Threading slips: test picks that show them, which slips the cells mean, and how to mend them."""
