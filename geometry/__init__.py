"""The sums of Plumbtack: readings, the fit, its doubts, and what the axle will do. Pure: arrays in, arrays out."""
