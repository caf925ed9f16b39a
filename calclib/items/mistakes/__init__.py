"""What each mistake leads to in one draw, and which mistakes come to the same."""
