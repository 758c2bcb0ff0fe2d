"""What was chosen in; work list, register, loads, orders, cash and risk by year out, as tables."""
