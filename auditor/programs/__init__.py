"""The calls a program makes: one listing, many, frames, the stream."""
