// Package predict turns the sky into numbers: elements in, positions, passes,
// tuning, sunlight and common windows out.
package predict
