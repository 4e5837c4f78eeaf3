"""Reading replies: decoding mail, telling people from machines, and finding answers in what people write.

Nothing is guessed: what is not certain is handed to a person with the words beside it.
"""
