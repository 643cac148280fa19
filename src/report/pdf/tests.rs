//! Tests of the PDF.
