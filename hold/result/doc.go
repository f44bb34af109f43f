// Package result is what a check comes to: verdict, findings by rule, pieces, actions, figures of vacuum and pump, and
// the working of a block, with the words that they are told in.
//
//	Finding (line, piece, rule, level, margin)  --Groups-->  Group (the same of equal pieces, in one sentence)
//	   |
//	   +--Judge-->  Verdict: held, at-risk, incomplete, loose
//
// It computes nothing: hold fills it, report draws it.
package result
