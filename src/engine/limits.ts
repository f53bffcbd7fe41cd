/** What one session can hold: the worklet node has an input for each channel, and racks are made beforehand. */
export const MAX_CHANNELS = 32;
export const MAX_BUSES = 8;
