"""Feeds in, a finished audit out: plans work, runs it in threads, merges findings in order, writes every output."""
