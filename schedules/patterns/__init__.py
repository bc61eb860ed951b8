"""What keeps failing: items that fail again at one position, with what stood around each failure.

A loss of function is a failure, a finding is none.  A call-back, the same item within 30 days of
its repair, is no new one; nor is a fan found dead again while nothing says that it was mended or
ran in between.
"""
