// Package check turns what was measured of a captured picture into a verdict:
// whether its source is fit to align a set against, and with which correction.
//
// The tolerances of each class stand in one table, [Limits], each with its
// source. Measuring is the business of package measure, files that of package
// ingest; this package writes tables and a page.
package check
