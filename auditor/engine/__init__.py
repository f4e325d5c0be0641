"""Feeds in, a finished audit out: plans work, runs it in threads, settles findings in order, writes every output."""
