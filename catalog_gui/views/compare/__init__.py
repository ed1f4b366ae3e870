"""The Compare page: hazards not excluded, and the specimen beside its lookalikes."""
