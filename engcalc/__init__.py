"""The engine: heat, flow, evidence and verdicts. Pure: no Qt, no PDF, no printing, no global state."""
