"""What an owner is shown by a link: kitchens in words, advice to answer, what waiting costs."""
