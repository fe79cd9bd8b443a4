"""stub"""
def offers_for(words, amount, table): return ()
