// Package verdict says first what came of a case: for each question that a person
// asks of a framework its state and one sentence with the number that matters, and
// then what there is to do, worst first.
//
// It measures nothing: every number is the result's own, and the state of a question
// is that of the worst finding about it (units.Rule.Question). A question that cannot
// be answered from what the case gives is said to be not known, never to be good.
package verdict
