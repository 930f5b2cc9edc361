"""Kitwright over HTTP and on the command line."""
