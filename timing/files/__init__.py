"""Files that a shop writes itself: its old book of timings, its list of operations, and work to be forecast.

Pure reading, no database. `table.py` takes a CSV file apart and gathers every line that is wrong, `cells.py` reads one
value, and each of the others is one form of file: `timings_file.py`, `operations_file.py`, `forecast_file.py`. What is
done with them: `shop/old_book.py`, `shop/forecast_lines.py`.
"""
