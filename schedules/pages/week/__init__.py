"""The week's rounds in a browser, for those who plan: read, changed by plain forms, published."""
