"""Everything that the command line can answer: the core's calculations and the server's own."""

from webapp.calc import label, statistics
from webapp.core.calc import calculations
from webapp.core.fields import Calculation

ALL: tuple[Calculation, ...] = calculations.ALL + statistics.CALCULATIONS + (label.CALCULATION,)
