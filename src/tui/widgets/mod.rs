//! Parts that screens are put together from; each paints into a `Buffer` and knows no screen.
