"""life"""
