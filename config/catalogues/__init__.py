"""What is said in other languages: gathered from the code, kept as .po, compiled, in Python alone."""
