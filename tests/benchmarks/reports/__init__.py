"""How long does a document take, and does every plan's report come once?"""
