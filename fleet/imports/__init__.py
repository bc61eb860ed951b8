"""A spreadsheet of fans becomes the register: read, match, check, plan, then all or nothing."""
