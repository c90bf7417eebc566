//! What is wrong with the recording itself: clipping, dropouts, DC, hum, interference, quantisation.
