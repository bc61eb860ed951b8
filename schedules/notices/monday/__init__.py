"""The dispatcher's Monday list: what is overdue and due, what moved, whom no letter reaches."""

from schedules.notices.monday.gathering import monday_letters

__all__ = ["monday_letters"]
