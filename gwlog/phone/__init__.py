"""The phone's pages: a face made on the server, for the household's own network. It holds no rule and writes nothing
but through `app`.
"""
