"""read"""
