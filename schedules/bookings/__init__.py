"""Who goes where on which day: booked, moved, withdrawn by those who plan."""
