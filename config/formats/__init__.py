"""How figures are written where Django's own formats do not fit."""
