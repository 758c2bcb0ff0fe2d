"""A plan in; why each component's course was chosen, in words with numbers, out."""
