"""Keys: accepted answers, fairness, and keys made later by a corrected model or from own earlier values."""
