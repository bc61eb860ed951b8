"""Spanish as in Mexico and the USA: 1,480.50, as figures stand on meters there (CLDR es-MX, es-US)."""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
