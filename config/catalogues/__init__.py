"""What is said in Spanish: gathered from the code, kept as .po and compiled, in Python alone."""
