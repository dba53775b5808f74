"""Words everything else is said in: dates, units, names, errors."""
