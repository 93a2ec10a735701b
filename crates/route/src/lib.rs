//! The heart: operations, designs, dye store, workshop, lots; baths, cards and cost are folds over the route.
