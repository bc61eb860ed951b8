"""When to come back: pure rules over plain columns, no clock, no database."""

from schedules.engine.bearings import regrease_interval_h as regrease_interval_h
from schedules.engine.calendar_hours import running_hours as running_hours
from schedules.engine.grease_line import grease_crossing as grease_crossing
from schedules.engine.lines import straight_line as straight_line
from schedules.engine.months import next_inspection_day as next_inspection_day
from schedules.engine.ranks import mann_kendall as mann_kendall
from schedules.engine.slopes import theil_sen as theil_sen
