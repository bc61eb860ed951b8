"""What runs by itself: the timetable, its turns once each, ranges of fans, what came of them."""
