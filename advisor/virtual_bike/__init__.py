"""A virtual bike: a physical model of an air-cooled opposed twin in which faults can be planted."""
