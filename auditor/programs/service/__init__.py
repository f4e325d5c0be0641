"""The pre-publish check over HTTP: a listing, many, a marking or a pair in, the verdict of every other way out."""
