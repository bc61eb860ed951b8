"""Old records from files: JSON lines with everything, or a table of readings (CSV, XLSX).

A table has one row per fan, visit and stage.  Headings: owner, site, fan and visit date (must);
visit kind (walk-through if left out), technician, stage, switch left, notes; and any reading, seen
item or context of the registry by its name, capitals and signs forgiven, with its unit in brackets
where it is not the registry's: ``Vibration motor radial (in/s)``.  A cell may name its unit itself.
Rows of the same owner, site, date, kind and technician are one visit; of a visit on record, each
cell that says otherwise is told with what is on record, and cells that say the same change nothing.
"""
