"""What a shop is exposed to: killed servers, lost answers, facts that are sent twice."""
