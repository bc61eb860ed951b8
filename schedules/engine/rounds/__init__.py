"""Who goes where in a week, in what order: pure; what plans stands in ``planning`` alone.

``problem`` is what the planner is told, ``answer`` what it tells.  ``planning`` brings the solver
with it and is imported by nothing that answers web pages.
"""

from schedules.engine.rounds.answer import Broken as Broken
from schedules.engine.rounds.answer import ExtraDay as ExtraDay
from schedules.engine.rounds.answer import ExtraTime as ExtraTime
from schedules.engine.rounds.answer import LeftOut as LeftOut
from schedules.engine.rounds.answer import Overload as Overload
from schedules.engine.rounds.answer import Plan as Plan
from schedules.engine.rounds.answer import Reason as Reason
from schedules.engine.rounds.answer import Round as Round
from schedules.engine.rounds.answer import Stop as Stop
from schedules.engine.rounds.answer import Why as Why
from schedules.engine.rounds.laid import Remainder as Remainder
from schedules.engine.rounds.laid import remainder_of as remainder_of
from schedules.engine.rounds.parameters import RoundsParams as RoundsParams
from schedules.engine.rounds.problem import Blocker as Blocker
from schedules.engine.rounds.problem import CurrentRound as CurrentRound
from schedules.engine.rounds.problem import CurrentStop as CurrentStop
from schedules.engine.rounds.problem import DueFan as DueFan
from schedules.engine.rounds.problem import Problem as Problem
from schedules.engine.rounds.problem import Shift as Shift
from schedules.engine.rounds.problem import Site as Site
from schedules.engine.rounds.problem import Technician as Technician
from schedules.engine.rounds.telling import price_rounds as price_rounds
from schedules.engine.rounds.travel import Travel as Travel
