//! The order on paper and as tables: for the merchant, for whoever cuts, for whoever lays.
//!
//! *In.* A [`SheetOrder`](super::order::SheetOrder) and the greens. *Out.* Texts and a workbook.
//!
//! | file | what it makes |
//! |---|---|
//! | `page` | `order.html`, A4: what to buy, what to cut, what to lay, with the drawing and cautions |
//! | `lists` | rows of the lists to cut and to lay, page by page |
//! | `drawing` | the strips on a green |
//! | `merchant` | whole rolls with prices and sums, as CSV and as a workbook |
//! | `strips_table` | every strip with its place and roll, as CSV |

mod drawing;
mod lists;
mod merchant;
mod page;
mod strips_table;

pub use drawing::strips_svg;
pub use merchant::{merchant_csv, merchant_xlsx};
pub use page::{OrderSheet, amounts, lapping, order_html};
pub use strips_table::strips_csv;
