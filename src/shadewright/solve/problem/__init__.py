"""What a job asks of its cloth, the trade taken out: kinds, options, rolls and stretches."""
