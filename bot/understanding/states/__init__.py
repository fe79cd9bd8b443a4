"""Movement, sleep, feelings, the sensor, typed glucose values."""
