"""One file with all that is on record, for either database.

A plain tar: ``about.json`` (format, moment, migrations), ``rows/APP.MODEL/N.jsonl.gz`` (a row a
line, columns without a value left out), ``photos/`` and ``mail/`` as they lie in their folders,
``end.json`` (rows of each table, the highest keys given, a digest of all that came before).  Left
out is what tells nothing that is not told elsewhere, or would let its finder in: sessions, counted
failed sign-ins, packed histories, the secret key.
"""
