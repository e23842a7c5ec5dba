"""What makes a threading balance."""
