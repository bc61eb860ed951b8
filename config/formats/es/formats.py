"""Spanish as in Mexico and the USA: 1,480.50, as meters there show it (CLDR, es-MX and es-US)."""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
