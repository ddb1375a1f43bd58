"""What is in the rack: bought, counted, issued to orders and brought back, and what it cost.

`fifo` is the sum, without a database; `amounts` reads and tells how much; `book` reads the facts of materials and
works them out; `actions` are what a person does; `needs` is what orders in work want; `plans` and `offered` issue what
a cutting plan takes; `seasoning` says how dry timber is; `page` is what the pages show.
"""
