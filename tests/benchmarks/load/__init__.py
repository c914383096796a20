"""Many technicians at once, with people who look at lists beside them."""
