"""What is in the rack: bought, counted, issued to orders and brought back, and what it cost.

`fifo` is the sum, without a database, by the days of a `ledger`; `amounts` reads and tells how much; `book` reads the
facts of materials and works them out; `late` says what a late one changed; `actions` are what a person does; `given` is
what an order had; `needs` is what orders in work want; `plans`, `offered` and `plan_seen` issue what a cutting plan
takes, once, and `offcuts` keeps what it leaves; `seasoning` says how dry timber is; `page` is what the pages show.
"""
