"""Whether planned walk-throughs happen: what was promised, what was done, why the rest was not.

All is our own definition, asked anew each time and stored nowhere, so that a visit logged days
later, a correction or a reason given afterwards counts from then on.

**Planned** is a fan's work at a stop of the version in force: the last one published before that
stop was to begin.  A week promises each piece of work once; the first day counts, so that a stop
missed on Monday and put on Thursday is Monday's.  A booking moved or handed to somebody else before
the stop was to begin carries the promise along.

What is planned comes to one of these (``Outcome``):

- *kept*: done on its day or before it, after the plan was published; by whoever.
- *later*: done after its day, in the same week.
- *excused*: not done, and a reason is on record: a visit says that the fan was not reached,
  somebody gave a reason, the booking was withdrawn, or something it waits for was entered.
- *silent*: not done, and nobody said why; a visit that leaves the fan out is no word on it.
- *dropped*: made safe or replaced before its day ended, so that other work is due.  Not counted.
  A code inspection is its system's and stays promised.
- *ahead*: its day is not over yet at the site.  Not counted.

**Done** is what settles the work: a code inspection by somebody qualified; an action that
regreased, where hours ask for it; for a walk-through, a restart check or failure odds a look that
answers all that its walk-through requires; for everything else a look, or something done to it.
Only visits that no correction has replaced count, on the site's day on which they began.

**On time** is done no later than the day after which the work was overdue when it was planned.
**Unplanned** are fans looked at in a week that promised nothing of them.
"""
