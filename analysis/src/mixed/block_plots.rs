//! Plots in order of their block, with what a block needs of them.

use crate::counts::ModelMatrix;

/// Plots in order of their block, with what a block needs of them.
#[derive(Debug, Clone)]
pub(super) struct BlockPlots {
    /// Plots in order of their block.
    order: Vec<usize>,
    /// Where each block starts in `order`, and the end.
    bounds: Vec<usize>,
    /// Count and offset of each plot.
    counted: Vec<(f64, f64)>,
    /// Where the cells of each plot start in `cells`, and the end.
    cell_bounds: Vec<usize>,
    /// Cells of a plot's row that are not zero: the place of the column among its block's columns, and the value.
    cells: Vec<(usize, f64)>,
    /// Where the columns of each block start in `columns`, and the end.
    column_bounds: Vec<usize>,
    /// Columns in which some plot of a block has a cell that is not zero, ascending.
    columns: Vec<usize>,
}

/// A plot as its block sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct BlockPlot<'p> {
    pub(super) count: f64,
    pub(super) offset: f64,
    /// Place among the block's columns, and value.
    pub(super) cells: &'p [(usize, f64)],
}

impl BlockPlots {
    pub(super) fn new(
        counts: &[f64],
        offset: &[f64],
        matrix: &ModelMatrix,
        block: &[usize],
    ) -> Self {
        let mut order: Vec<usize> = (0..counts.len()).collect();
        order.sort_by_key(|&row| block[row]);
        let mut bounds = vec![0];
        bounds.extend((1..order.len()).filter(|&at| block[order[at]] != block[order[at - 1]]));
        bounds.push(order.len());
        let mut plots = Self {
            counted: order
                .iter()
                .map(|&row| (counts[row], offset[row]))
                .collect(),
            order,
            bounds,
            cell_bounds: vec![0],
            cells: Vec::new(),
            column_bounds: vec![0],
            columns: Vec::new(),
        };
        for block in 0..plots.blocks() {
            plots.add_columns(block, matrix);
        }
        plots
    }

    /// Finds the columns of a block and the places of its cells among them.
    fn add_columns(&mut self, block: usize, matrix: &ModelMatrix) {
        let rows = &self.order[self.bounds[block]..self.bounds[block + 1]];
        let first = self.columns.len();
        for &row in rows {
            for (column, _) in matrix.row(row) {
                if !self.columns[first..].contains(&column) {
                    self.columns.push(column);
                }
            }
        }
        let columns = &mut self.columns[first..];
        columns.sort_unstable();
        self.column_bounds.push(first + columns.len());
        for &row in rows {
            let place = |column| columns.partition_point(|&c| c < column);
            self.cells.extend(
                matrix
                    .row(row)
                    .map(|(column, value)| (place(column), value)),
            );
            self.cell_bounds.push(self.cells.len());
        }
    }

    /// Number of blocks.
    pub(super) fn blocks(&self) -> usize {
        self.bounds.len() - 1
    }

    /// Number of plots of the largest block.
    pub(super) fn largest(&self) -> usize {
        self.bounds
            .windows(2)
            .map(|b| b[1] - b[0])
            .max()
            .unwrap_or(0)
    }

    /// For each plot, in the order in which plots were given, its block.
    pub(super) fn block_of_each(&self) -> Vec<usize> {
        let mut of = vec![0; self.order.len()];
        for (block, ends) in self.bounds.windows(2).enumerate() {
            for &row in &self.order[ends[0]..ends[1]] {
                of[row] = block;
            }
        }
        of
    }

    /// Columns of a block, ascending.
    pub(super) fn columns(&self, block: usize) -> &[usize] {
        &self.columns[self.column_bounds[block]..self.column_bounds[block + 1]]
    }

    /// Plots of a block.
    pub(super) fn of(&self, block: usize) -> impl Iterator<Item = BlockPlot<'_>> {
        let rows = self.bounds[block]..self.bounds[block + 1];
        let cells = self.cell_bounds[rows.start..=rows.end].windows(2);
        let counted = self.counted[rows].iter();
        counted
            .zip(cells)
            .map(|(&(count, offset), ends)| BlockPlot {
                count,
                offset,
                cells: &self.cells[ends[0]..ends[1]],
            })
    }
}
