//! Worked examples from papers and books.

mod randomisation;
