"""WRITE: one function a happening. Checks, writes, records; ledger.py is the pen."""
