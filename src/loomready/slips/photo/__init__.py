"""A photograph of a test weave read into cells: which thread is on top where each end meets each pick."""
