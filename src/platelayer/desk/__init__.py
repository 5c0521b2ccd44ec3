"""The working page: the whole job in a person's own browser, served from their own machine to nobody else.

Glossary:
    desk: the page, the server that hands it out, and the workers that answer it, all for one folder.
    server: talks to the browser, reads and saves files; it imports no stage, so that it is there at once.
    worker: a process of its own that imports the stages and answers questions, one after another.
    look: a job read, laid and drawn, without any path: what the page shows while a person types.
    one-time code: what the address holds; changed once for a token, which the page keeps in memory and sends along.
    ticket: a one-time code for a frame, which cannot send a token.
"""
