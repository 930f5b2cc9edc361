"""The OpenAPI document, its examples, and the promises.

May import sheet, web and below.
"""
