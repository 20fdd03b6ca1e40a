"""The lender's pack, one topic a file; each gives its parts by `parts(pack)`, in the order of `report/lender_pack.py`."""
