"""What people do with stacks: order, look, cancel; and what keeps them within bounds."""
