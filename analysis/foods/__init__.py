"""What drives one person's glucose: foods, judged together from all that was eaten."""
