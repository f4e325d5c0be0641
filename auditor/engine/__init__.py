"""Feeds in, a finished audit out: plans work, has workers do it, merges findings in order, writes every output."""
